from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "orders"
    label = "orders"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell the projects, which know no orders, what keeps a floor on its project, and how orders are found."""
        from framing.projects.floor_holds import tell_holder
        from orders import find, lists
        from orders.change_facts import change_held
        from orders.selectors import order_with_floor  # models are there only now
        from quotes.services import tell_change_holder

        tell_holder(order_with_floor)
        tell_change_holder(change_held)
        find.register()
        lists.register()
